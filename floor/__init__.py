"""Floor: the tablet page beside the machine, and the supervisor's time log."""
