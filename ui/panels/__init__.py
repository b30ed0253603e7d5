"""The panels of the page: what people see beside the drawing."""
