"""Words of the templates' own."""
