"""Copper: what a conductor's resistance, mass and heating say of its metal and size, and what it can carry."""
