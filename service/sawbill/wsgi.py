"""The application as a WSGI server runs it: `gunicorn sawbill.wsgi:app`.

It reckons in its own process, which bounds nothing: `sawbill serve` has engines, deadlines and a door of its own.
"""

from sawbill.web import logs
from sawbill.web.app import create_app

logs.configure()
app = create_app()
