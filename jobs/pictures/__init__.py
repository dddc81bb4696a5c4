"""Pictures coming in: decoded in a process of their own, written anew, without the place they were taken at."""
