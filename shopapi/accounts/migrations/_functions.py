"""The SQL functions of `accounts.queries`, and those that they took the place of: read by migrations alone."""

# Finds the shop of an API key. Runs as the owner of the tables, so it returns as little as possible. The member of a
# session is found by `session_of`, which replaced `memberships_of`.
FUNCTIONS = """
CREATE FUNCTION memberships_of(of_user uuid)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost
    FROM accounts_member m WHERE m.user_id = of_user AND m.active ORDER BY m.created_at, m.id;
$$;

CREATE FUNCTION membership_by_token(of_digest text)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost
    FROM accounts_apitoken t JOIN accounts_member m ON m.shop_id = t.shop_id AND m.id = t.member_id
    WHERE t.digest = of_digest AND t.revoked_at IS NULL AND m.active;
$$;

CREATE FUNCTION every_shop() RETURNS TABLE (id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT s.id FROM accounts_shop s ORDER BY s.id;
$$;
"""

# Finds the shop of an API key, with what the key may do, and notes the day of its use. Took the place of
# `membership_by_token`.
KEY_FUNCTION = """
CREATE FUNCTION membership_by_key(of_digest text)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean, permissions varchar[])
LANGUAGE plpgsql VOLATILE SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
    of_shop uuid;
BEGIN
    SELECT t.shop_id INTO of_shop FROM accounts_apitoken t
    WHERE t.digest = of_digest AND t.revoked_at IS NULL
        AND t.last_used_on IS DISTINCT FROM (now() AT TIME ZONE 'UTC')::date;
    IF FOUND THEN
        -- As every writer of a shop: its lock first.
        PERFORM FROM core_synchead h WHERE h.shop_id = of_shop FOR UPDATE;
        UPDATE accounts_apitoken t SET last_used_on = (now() AT TIME ZONE 'UTC')::date WHERE t.digest = of_digest;
    END IF;
    RETURN QUERY SELECT m.shop_id, m.id, m.role, m.may_see_cost, t.permissions::varchar[]
    FROM accounts_apitoken t JOIN accounts_member m ON m.shop_id = t.shop_id AND m.id = t.member_id
    WHERE t.digest = of_digest AND t.revoked_at IS NULL AND m.active
        AND (t.expires_at IS NULL OR t.expires_at > now());
END $$;
"""

# Was asked for somebody who has left; `session_of` answers that now.
LEFT_FUNCTION = """
CREATE FUNCTION membership_left_by(of_user uuid) RETURNS TABLE (shop_id uuid, member_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id FROM accounts_member m
    WHERE m.user_id = of_user AND NOT m.active ORDER BY m.ended_at DESC, m.id LIMIT 1;
$$;
"""

# Took no account of sessions that were used on no device; `session_of` does.
SESSION_FUNCTION = """
CREATE FUNCTION session_stands_for(of_user uuid, of_sign_in text)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean, device_id uuid, signed_off boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost, used.newest, NOT m.active OR coalesce(used.signed_off, false)
    FROM accounts_member m CROSS JOIN LATERAL (
        SELECT (array_agg(d.id ORDER BY d.created_at DESC, d.id DESC))[1] AS newest,
            bool_or(d.revoked_at IS NOT NULL) AS signed_off
        FROM accounts_device d
        WHERE d.shop_id = m.shop_id AND d.member_id = m.id AND of_sign_in = ANY (d.sign_ins)
    ) used
    WHERE m.user_id = of_user ORDER BY m.active DESC, m.ended_at DESC, m.created_at DESC, m.id LIMIT 1;
$$;
"""

# Answers for whom a session acts and on which device: the active membership joined last, else the one that ended last.
# `signed_off` when the membership has ended, or any device that this session was used on was signed off. One that was
# used on no device may run on any: it is signed off with the first device of the member that is, once it has begun.
SESSION_OF_FUNCTION = """
CREATE FUNCTION session_of(of_user uuid, of_sign_in text, begun_at timestamptz)
RETURNS TABLE (shop_id uuid, member_id uuid, role varchar, may_see_cost boolean, device_id uuid, signed_off boolean)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT m.shop_id, m.id, m.role, m.may_see_cost, used.newest,
        NOT m.active OR coalesce(used.signed_off, begun_at <= used.last_sign_off, false)
    FROM accounts_member m CROSS JOIN LATERAL (
        SELECT (array_agg(d.id ORDER BY d.created_at DESC, d.id DESC) FILTER (WHERE of_sign_in = ANY (d.sign_ins)))[1]
                AS newest,
            bool_or(d.revoked_at IS NOT NULL) FILTER (WHERE of_sign_in = ANY (d.sign_ins)) AS signed_off,
            max(d.revoked_at) AS last_sign_off
        FROM accounts_device d WHERE d.shop_id = m.shop_id AND d.member_id = m.id
    ) used
    WHERE m.user_id = of_user ORDER BY m.active DESC, m.ended_at DESC, m.created_at DESC, m.id LIMIT 1;
$$;
"""


# Answers which shop an invitation belongs to, before the shop is known: two ids, no more.
INVITATION_FUNCTION = """
CREATE FUNCTION shop_of_invitation(of_hash text) RETURNS TABLE (shop_id uuid, invitation_id uuid)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = public, pg_temp AS $$
    SELECT i.shop_id, i.id FROM accounts_invitation i WHERE i.token_hash = of_hash;
$$;
"""
