"""The command line: one file a command, which reads its options, calls one task and prints what came back."""
