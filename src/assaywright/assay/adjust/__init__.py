"""A lot that missed its strength: what to add, what that gives, how likely it then conforms; and blending lots."""
