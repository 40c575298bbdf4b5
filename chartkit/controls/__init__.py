"""What a player may ask for to practise with: one small module for each control.

Conventions: times round are counted from 1, tempos are quarter notes a minute. A control is a
value that checks itself and a few functions; `chartkit.take` holds the values, `chartkit.rounds`
and `chartkit.arrange` put them to work. The players of the band know none of them.
"""
