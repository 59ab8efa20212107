"""What the OpenAPI document says in words: its introduction, its fields, its parameters, its examples."""
