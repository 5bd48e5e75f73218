class Refused(Exception):
    """A change that cannot be made; its text is a translated sentence for the person who tried."""
