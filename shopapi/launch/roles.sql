-- The two roles and the database of Drawbar; run by a superuser through psql, as often as one likes.
--   drawbar_owner  owns the database, runs migrations; BYPASSRLS, because under forced row-level
--                  security even the owner's foreign keys and data migrations would see no rows.
--   drawbar_app    what web and worker sign in as: owns nothing, bypasses nothing.
-- OWNER_PASSWORD and APP_PASSWORD come from the environment; unset or empty leaves a role without one.
\set ON_ERROR_STOP on
\set owner_password ''
\set app_password ''
\getenv owner_password OWNER_PASSWORD
\getenv app_password APP_PASSWORD

SELECT 'CREATE ROLE drawbar_owner' WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'drawbar_owner') \gexec
SELECT 'CREATE ROLE drawbar_app' WHERE NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'drawbar_app') \gexec
ALTER ROLE drawbar_owner LOGIN NOSUPERUSER CREATEDB NOCREATEROLE BYPASSRLS PASSWORD :'owner_password';
ALTER ROLE drawbar_app LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS PASSWORD :'app_password';
-- As the application asks for by itself (`config/settings.py`), which it cannot through PgBouncer.
ALTER ROLE drawbar_app SET lock_timeout = '8s';
ALTER ROLE drawbar_app SET statement_timeout = '60s';

-- Default privileges belong to one database and are copied from its template: set on template1 they
-- hold in `drawbar` and in every test database the owner creates. No TRUNCATE: it ignores policies.
\connect template1
ALTER DEFAULT PRIVILEGES FOR ROLE drawbar_owner GRANT SELECT, INSERT, UPDATE, DELETE ON TABLES TO drawbar_app;
ALTER DEFAULT PRIVILEGES FOR ROLE drawbar_owner GRANT USAGE, SELECT ON SEQUENCES TO drawbar_app;
GRANT USAGE ON SCHEMA public TO drawbar_app;

SELECT 'CREATE DATABASE drawbar OWNER drawbar_owner TEMPLATE template1'
WHERE NOT EXISTS (SELECT FROM pg_database WHERE datname = 'drawbar') \gexec
