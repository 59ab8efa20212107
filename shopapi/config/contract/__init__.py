"""The contract between server and phone: one generated TypeScript file of types and tables.

`python3 manage.py contract` writes it. Everything in it is read from the resources, their schemas and the rules.
"""
