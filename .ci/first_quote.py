"""Wait for the service and fetch a first quote from it: python first_quote.py http://127.0.0.1:8000 PID."""

import json
import os
import sys
import time
from urllib.error import URLError
from urllib.request import urlopen

base, service = sys.argv[1], int(sys.argv[2])
while True:  # the first start on a machine compiles loops: a busy one may take minutes
    try:
        with urlopen(f"{base}/healthz", timeout=2):
            break
    except (URLError, TimeoutError):
        time.sleep(0.2)
    try:
        os.kill(service, 0)  # signal 0 asks only whether it is there
    except ProcessLookupError:
        sys.exit("The service has ended before it answered; what it said above tells why.")

asked = f"{base}/v1/designs/slatted-bed/quote?price_book=sample-inch&mattress=queen&clear_height=8in"
with urlopen(asked, timeout=30) as answer:
    quote = json.load(answer)
print(f"\nA queen slatted bed from the sample prices ({quote['price_book']['currency']}):")
for row in quote["shopping_list"]:
    length = row["length"]["text"] if row.get("length") else ""
    what = row.get("section") or " ".join(filter(None, (row["item"], row.get("size"))))
    print(f"  {row['quantity']:>4}  {' x '.join(filter(None, (what, length))):<36} {row['amount']:>9}")
print(
    f"  total {quote['totals']['total']:>45}\n\nAs data: {asked}\nAs a page: {asked.replace('/quote?', '/quote.html?')}"
)
print("Ctrl-C stops the service.", flush=True)
