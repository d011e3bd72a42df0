"""A run over files: which files, policy, known findings, corrections, and one number typed."""
