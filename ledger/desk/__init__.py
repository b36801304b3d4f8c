"""Where the work of a verb is put together: opens the book, asks the rooms, hands git what is to be recorded."""
