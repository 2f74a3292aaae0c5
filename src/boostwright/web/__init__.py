"""The page in the browser: a server on the loopback that hands requests to the task functions and sends their
answers back. It computes nothing of its own.

    server (socket, link) -> guard (who may ask, how much) -> routes/ (one file a screen) -> tasks, report
"""
