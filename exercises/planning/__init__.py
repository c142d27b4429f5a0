"""What to test next: the tests that rules allow, what each would tell, and what none can part."""
