"""The chapters of the report, one file each: every one is a function from the index to blocks."""
