"""What ``clutchweather doctor`` looks at in the service itself."""
