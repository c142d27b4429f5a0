"""The whole record as one file, for either database; and one learner's data, out or gone.

A backup is a zip with a file of JSON lines for each table (``NAME.jsonl``, a row a line, columns
in order of their names) and ``manifest.json``: the version of the tables, and of each its rows
and the sha256 of its lines. A column that is empty is left out of its line, so that columns which
a later version adds change no digest. Sign-ins, counted tries and the laboratory's secret are in
no backup.
"""
