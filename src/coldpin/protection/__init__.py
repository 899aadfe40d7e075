"""Protection: which residual currents are switched off and how soon, and what a body would bear otherwise."""
