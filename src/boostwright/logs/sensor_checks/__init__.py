"""What the sensors of a log are worth: each check in a file of its own, and the list of what is doubtful."""
