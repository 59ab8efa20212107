"""The sessions of the person who is signed in: listed, ended; and the middleware that notes their contacts."""

from collections.abc import Callable
from uuid import UUID

from django.contrib.auth import SESSION_KEY
from django.http import HttpRequest, HttpResponse
from rest_framework.request import Request
from rest_framework.response import Response

from shopapi.accounts.api.factors import DONE, OwnView, described, person_of, without_transaction
from shopapi.accounts.rules import Permission
from shopapi.accounts.rules.security_events import SecurityEvent
from shopapi.accounts.rules.sessions import SessionRows
from shopapi.accounts.services import sessions
from shopapi.accounts.services.security_events import record_session
from shopapi.core.http.clients import client_ip
from shopapi.core.schema import to_json


def note_contact(get_response: Callable[[HttpRequest], HttpResponse]) -> Callable[[HttpRequest], HttpResponse]:
    """Note the contact of a session after its answer, outside of any transaction; end one that is over."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        session = request.session
        if session.accessed and (user_id := session.get(SESSION_KEY)) is not None:
            # The user of the request is nobody then: Django REST framework has set it so.
            if sessions.is_over(session):
                sessions.forget(session)
                session.flush()
                record_session(SecurityEvent.SESSION_EXPIRED, UUID(user_id))
            elif request.user.is_authenticated:
                agent = request.headers.get("User-Agent", "")
                sessions.note_contact(user_id=request.user.pk, session=session, agent=agent, network=client_ip(request))
        return response

    return middleware


@without_transaction
class SessionsView(OwnView):
    """The sessions of the person who is signed in."""

    needs = {"GET": Permission.READ}

    @described("read_sessions", "The browsers on which one is signed in", SessionRows)
    def get(self, request: Request) -> Response:
        """A session ends by itself when it is too old, or has made no contact for too long (settings of the server)."""
        rows = sessions.sessions_of(actor=self.actor, user=person_of(request), session=request.session)
        return Response(to_json(SessionRows(rows=rows)))


@without_transaction
class SessionEndView(OwnView):
    """The end of one session."""

    needs = {"POST": Permission.READ}

    @described("end_session", "End one of one's other sessions", DONE, status=204)
    def post(self, request: Request, row_id: UUID) -> Response:
        """Its browser has to sign in again, and keeps what is unsent."""
        user = person_of(request)
        sessions.end_session(actor=self.actor, user=user, session_id=row_id, session=request.session)
        return Response(status=204)


@without_transaction
class OtherSessionsView(OwnView):
    """The end of all other sessions."""

    needs = {"POST": Permission.READ}

    @described("end_other_sessions", "End all of one's other sessions", DONE, status=204)
    def post(self, request: Request) -> Response:
        """Their browsers have to sign in again, and keep what is unsent."""
        user = person_of(request)
        sessions.end_other_sessions(actor=self.actor, user=user, session=request.session)
        return self.kept(request, Response(status=204))
