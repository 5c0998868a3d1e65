"""The routes by subject: each takes what was sent, calls one function of the service, answers."""
