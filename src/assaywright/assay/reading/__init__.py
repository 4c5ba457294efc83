"""The parsing layer of worksheets: from a TOML table as typed to frozen observations, or one sentence of refusal."""
