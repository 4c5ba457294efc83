"""The pages, one group a file: view, form, and a dataclass of what the template shows."""
