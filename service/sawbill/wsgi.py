"""The application as a WSGI server runs it: `gunicorn sawbill.wsgi:app`."""

from sawbill.web import logs
from sawbill.web.app import create_app

logs.configure()
app = create_app()
