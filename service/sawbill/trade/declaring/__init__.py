"""How what may be asked is declared: kinds of value, the members of a group, the headings they stand under."""
