"""Small programs that the Makefile runs: proving, measuring speed, making the generated pages of the docs."""
