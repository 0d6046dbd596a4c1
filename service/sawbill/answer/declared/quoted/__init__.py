"""What a quote answers, declared part by part."""
