"""Every part of a page, ready to be put together. The library is built in: no load line is needed.

Words and numbers (filters; all take None and say "not given")
    {{ value|q:unit }}                      12.31 V, value strong
    {{ value|plain:unit }}                  the same without markup, for attributes and sentences
    {% limits lo hi unit %}                 "12.40 to 12.90 V", "0.05 A or less"
    {{ odo|odometer:"mi" }}                 61,516 miles: as recorded
    {% distance km %}                       a distance in km, shown in the unit of the location
    {% distance value "mi" %}               the same from miles
    {{ moment|day }}                        Sat 17 Oct 2026 (a date, a date-time or a Moment; location's zone)
    {{ moment|day_short }}                  Sat 17 Oct
    {{ moment|clock }}                      11:20
    {{ moment|when }}                       Sat 17 Oct 2026, 11:20; the day alone where no time is known
    {{ moment|when_short }}                 Sat 17 Oct, 11:20
    {{ minutes|minutes }}                   2 h 5 min (a number of minutes or a timedelta)
    {{ days|days }}                         16 days
    {{ n|count:"gap" }}                     2 gaps; plural given: {{ n|count:"entry,entries" }}
    {{ amount|money:"GBP" }}                £141.60
    {{ level|evidence }}                    E4 verified
    {{ words|listed }}                      a, b and c
    {{ place|letter }}                      A for 0, B for 1: the letter of a channel
    {% rate x n low high %}                 16 of 214, 7.5 % (4.7 to 11.8); shares low, high from 0 to 1
    {% rate x n low high least=30 %}        below 30: 3 of 22, too few to compare

The chain (rings: objects or mappings with name, state joined|explained|open|ahead; word, findings, anchor,
template are optional)
    {% chain rings %}                       tall; draws ring.template where given, else the findings as gaps
    {% chain rings wide=False quiet=True %} one column (phone pages); state words for screen readers only
    <ol class="chain wide">{% for ring in rings|rings %}{% link ring %} … {% endlink %}{% endfor %}</ol>
                                            tall, with the page's own content; inside write
                                            <div class="link-body flow">…</div>
                                            <aside class="link-side flow">…</aside>
    {% chain_flat rings label="The chain of job 1057" %}              for a title block; sentence on a phone
    {% chain_flat rings label="Chain of job 1057" size="row" %}       for a row of a list
    {% sign "open" %}  {% sign "open" word=True %}                    a letter-sized ring, with its word

Readings
    {% verdict "within" %}                  within|below|above|none, or pass|fail; sign and word
    {% strip value lo hi %}                 the value drawn to scale; before=… adds the value before
    {% reading value unit lo hi %}          one line: value (limits) verdict; verdict="…" overrides place()
    {% readings rows caption="…" %}         the whole table; row keys: name, by, value, unit, lo, hi, and if
                                            wanted limit_note, verdict, verdict_word, level, text (no number),
                                            href, limits, proof and why (the probability, and one sentence)
    {% paper_strip value lo hi unit before=… label="…" uid="d1" %}    before and after, for papers

Boxes
    {% gap title text do=url explain=url close=url %}                 the three acts; do_word="Name the meter"
    {% gap title reason="…" by="Isa Renk" when=moment state="explained" %}
    {% gap title text state="pending" %}    not due yet     {% gap title text state="kept" by=… reason=… %}
    {% notice "This job came back" kind="came-back" %} … {% endnotice %}
    {% came_back earlier=order_link … %}    see its docstring: notice with a dimension line
    {% dimension start="…" start_note="…" start_url=url end="…" end_note="…" text="16 days, 312 miles" %}
    {% caution %}<ul><li>…</li></ul>{% endcaution %}   or   {% cautions list_of_sentences %}
    {% cells %}{% cell "Vehicle" "Norvane Tarn estate, 2017" note="QX 4471" %}{% endcells %}
    {% empty "No returns yet." "They appear here when …" url "Open a job" %}

Forms (write <form method="post" novalidate data-draft="order-1057-complaint">)
    {% sent_once %}                         in a form that adds something: sent twice, it is kept once
    {% error_summary form %}                what to put right, as links to the fields; formsets too
    {% field form.odo_in %}                 any field; size="short", label="…", hint="…"
    {% fields form %}                       all visible fields and the hidden ones
    {% filter_row filter.form %}            a list page's filter, GET, keeps the order of the table

    {% include "parts/_line_reading.html" with form=form action=url lo=lo hi=hi unit="A"
       limits_words="0.05 A or less" point="…" draft="order-1057-reading" %}  the one-line reading; the form
                                            has a field `reading`; load js/reading.js in the block scripts
    {% include "parts/_icon_search.html" %} _icon_photo, _icon_capture: inside a button, before its word
    A form with data-draft keeps its text on the device until a page with a success message answers it.

Lists (a table that folds: <div class="fold"><table class="list" role="table">, roles on its parts, and
data-h="Opened" on each cell for its name when folded)
    {% sort_head "Opened" "opened" %}       th with a link that sorts; num=True, param="sort"
    {% pager page_obj %}                    keeps the query
    {% csv_link %}  {% csv_link url %}      the same list as CSV; adds format=csv to the query

Drawings
    {% interval_bar low high value most=20 label="…" %}      on an axis from 0; all in per cent
    {% interval_strip low high value most=70 %}              a table cell; shares in per cent
    {% ruler used total %}                                   minutes used of minutes agreed

Bar
    {% navigation %}{% block nav_current %}front{% endblock %}{% endnavigation %}     base.html only
"""
