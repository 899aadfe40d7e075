"""The workbench of the person who tests charging leads and tells the public the truth about them."""

__version__ = "0.1.0"
