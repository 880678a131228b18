"""The report: figures, page and tables from a finished run; the only place that imports matplotlib and jinja2."""
