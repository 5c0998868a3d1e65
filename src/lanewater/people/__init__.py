"""Who may do what: roles, competence, PINs."""
