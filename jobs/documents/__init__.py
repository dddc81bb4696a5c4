"""Paper from HTML: PDF files made in a process of their own. Nothing here knows what is printed."""
