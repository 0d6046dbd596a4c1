"""A browser as far as forms go: it reads the page, fills a form in, sends what is hidden along, and follows."""

from html.parser import HTMLParser


class Forms(HTMLParser):
    """The forms of a page: each with where it leads, how, and what its fields hold before anybody fills them in."""

    def __init__(self, page):
        super().__init__()
        self.found = []
        self.feed(page)

    def handle_starttag(self, tag, attributes):
        given = dict(attributes)
        if tag == "form":
            self.found.append((given["action"], given.get("method", "get"), {}))
        elif tag == "input" and self.found and given.get("type") not in ("checkbox", "file"):
            self.found[-1][2][given["name"]] = given.get("value", "")
        elif tag == "select":
            self.select = given["name"]
        elif tag == "option" and self.found and (self.select not in self.found[-1][2] or "selected" in given):
            self.found[-1][2][self.select] = given["value"]


class Browser:
    """Somebody at a browser."""

    def __init__(self, app, host="localhost", scheme="http"):
        self.client, self.here = app.test_client(), f"{scheme}://{host}"
        self.client.environ_base |= {"HTTP_ACCEPT": "text/html,application/xhtml+xml,*/*;q=0.8"}

    def open(self, path):
        """Follow a link, or type an address."""
        return self.client.get(path, headers={"Sec-Fetch-Site": "none"}, base_url=self.here)

    def submit(self, page, action, headers=None, **filled):
        """Send the form of a page that leads somewhere, with fields filled in, and go where that leads."""
        (hidden,) = (hidden for to, _, hidden in Forms(page.text).found if to == action)
        return self.post(action, {**hidden, **filled}, headers)

    def post(self, action, data, headers=None):
        """Send a form that may be on no page at all."""
        sent = {"Origin": self.here, "Sec-Fetch-Site": "same-origin"} if headers is None else headers
        return self.client.post(action, data=data, headers=sent, base_url=self.here, follow_redirects=True)

    def sign_in(self, secret):
        """Sign in with a token."""
        return self.submit(self.open("/sign-in"), "/sign-in", token=secret)

    def cookies(self):
        """The names and values of the cookies that it holds."""
        return {name: cookie.value for (_, _, name), cookie in self.client._cookies.items()}
