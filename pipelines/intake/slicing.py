"""stub"""


class Sliced:
    pass
