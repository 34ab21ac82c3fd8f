"""The parts of the invented demonstration season; demo-data/generate.py puts them together."""
