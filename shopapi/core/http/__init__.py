"""HTTP for all apps: problem details, the base view, paging, idempotent writes, OpenAPI parameters, CSV."""
