"""The faces: shell, HTTP and pages. They translate and decide nothing."""
