"""Who may do what: roles, passwords, sessions. Pure but for the random numbers."""
