"""The application as a WSGI server runs it: `gunicorn sawbill.wsgi:app`."""

import os

from sawbill.files.secrets import without_files
from sawbill.web import logs
from sawbill.web.app import create_app
from sawbill.web.settings import read_settings

logs.configure()
app = create_app(read_settings(without_files(os.environ)))
