"""What follows from each kind of event for the tables that pages read; all of them can be made anew from the events."""

from assaywright.records.projections.registry import KINDS, project, projected_models

__all__ = ["KINDS", "project", "projected_models"]
