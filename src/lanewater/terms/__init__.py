"""Words, parameters and errors that every other room may use; it uses none of ours."""
