"""Where the server can be told to die."""

BEFORE_COMMIT, AFTER_COMMIT, MID_ANSWER, ANYWHERE = "before_commit", "after_commit", "mid_answer", "anywhere"
