"""Local rules as data: read, checked and handed to the kernel to judge by."""
