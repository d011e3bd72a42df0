"""The documentation site: pages made from the program itself, put in by mkdocs when it builds."""
