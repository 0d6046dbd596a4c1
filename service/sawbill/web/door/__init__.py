"""The door: who connects is heard by an event loop, and only a request that is whole takes a thread.

`connection` reads and writes one connection (HTTP by h11), `guests` bounds how many there are, `request` turns what was
read into what WSGI asks for, `sending` has the application answer it, `worker` is the process as gunicorn runs it,
`refusing` what never reaches the application.
"""
