"""What was found on a broken cage, held against what histories say.

`observations` reads what somebody saw on site, `facts` gathers what a history says about it,
`criteria` holds one written criterion for every kind of observation, `judged` puts the table
together. "Cannot tell" is an answer.
"""
