"""What a circuit file must be, and the sentence for each way in which one is not.

Text goes through ``toml_text`` (TOML to data), ``plain_data`` (values that can be kept and
shown), ``schema`` (keys and types, to a ``Draft``), ``checks`` (what names what),
``value_checks`` (sizes, colours, titles) and ``graph_checks`` (what is joined to what).
``circuits.files`` calls them in that order.
"""
