"""What each reading ruled out and why, in words; the words of faults and of readings for it."""
