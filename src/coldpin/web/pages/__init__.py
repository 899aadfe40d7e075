"""The pages, one subject one file: the frozen record that a page shows, how it is made, and its routes.

A page's record is its contract: the template renders it and nothing else, its JSON twin is the same record.
"""
