"""What is reckoned at night from what was seen: with numpy, in a process of its own. Pure."""
