"""The local page: a job card in the browser, beside the same text files an editor sees."""
