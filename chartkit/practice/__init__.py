"""Today's routine, the log and the growth of a tune: values and rules that know no chart.

A tune is known here by its id, the hash of its contents, its sections and its bars only.
"""
