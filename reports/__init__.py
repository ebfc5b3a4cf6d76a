"""Pictures, tables and paper. Heavy libraries live here; importing the package loads none of them."""
