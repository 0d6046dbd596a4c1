"""The application as a WSGI server runs it: `gunicorn sawbill.wsgi:app`."""

from sawbill.web.app import create_app

app = create_app()
