"""The application as a WSGI server runs it: `gunicorn sawbill.wsgi:app`.

It reckons in its own process, which bounds nothing: `sawbill serve` has engines, deadlines and a door of its own.
"""

import os

from sawbill.files.secrets import without_files
from sawbill.web import logs
from sawbill.web.app import create_app
from sawbill.web.settings import read_settings

logs.configure()
app = create_app(read_settings(without_files(os.environ)))
