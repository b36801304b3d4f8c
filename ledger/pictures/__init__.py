"""Two exports in, what changed out. The only room that decodes pictures."""

#: Raised by one whenever the same two pictures may be judged otherwise than before: what is remembered counts no more.
METHOD = 13
