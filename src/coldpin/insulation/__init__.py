"""Insulation: which distances are asked for between mains and what a person touches, and which are there."""
