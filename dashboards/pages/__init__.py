"""Routes that only translate: request in, view made, template out."""
