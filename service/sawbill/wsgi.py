"""The application as any WSGI server runs it, such as `gunicorn --preload sawbill.wsgi:app`, or waitress.

Whatever process loads it has a back room of its own beside it, which ends with it: so a server should load it once,
before it forks. What `sawbill serve` has beyond that: a door that no slow client holds up, work that ends when its
client leaves, and a back room that is started again whatever is killed. Here it is only as long as its keeper lives.
"""

import os

from sawbill.backroom import Limits, beside
from sawbill.cutting.solver.helper import HELPER
from sawbill.web.app import create_app
from sawbill.web.http import logs
from sawbill.web.reckoning import readiness
from sawbill.web.running.secrets import without_files
from sawbill.web.running.settings import read_settings

logs.configure()
settings = read_settings(without_files(os.environ))
readiness.load()
app = create_app(settings, room=beside(Limits(settings.engines, memory=settings.memory * 2**20), HELPER.warm))
