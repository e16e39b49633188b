"""The parts of samples/facility/invent.py: an invented facility's month, its machines and its loggers."""
