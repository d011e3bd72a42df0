"""The report documents: what stands in each, as records of `report.model`."""
