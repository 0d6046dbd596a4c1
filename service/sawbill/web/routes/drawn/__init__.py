"""Where furniture is shown: drawings, models, and documents for the printer."""
