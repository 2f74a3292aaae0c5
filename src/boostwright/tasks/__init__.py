"""What the program can do, one function a question: (build folder, request) in, frozen result out."""
