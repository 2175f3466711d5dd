"""What is asked for and what there is: rails one by one, boards, the strips that they give, money.

Lengths become whole numbers of a fine grid here, pieces and kerf rounded up, boards down.  Nothing
is chosen in this room.
"""
