"""Paper from HTML: PDF files made in a process of their own. Anything may be printed; nothing here knows what it is."""
