"""One file a verb: options, a question to the desk, an answer on the screen."""
