"""A voice without a model, the bundled voices, and judges of what voices say."""
