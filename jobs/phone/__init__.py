"""The site day on a phone: which acts it may keep, how what it sends is read, and what it stores."""
