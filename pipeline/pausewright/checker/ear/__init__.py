"""The machine's ear: an independent recogniser hears each utterance; its words are compared.

What is heard and what the script says are both brought to the same spoken form (`spoken`,
`numerals`), laid side by side (`compare`) and judged by what matters in a test: figures,
negations, units, comparisons and their order (`weigh`).
"""
