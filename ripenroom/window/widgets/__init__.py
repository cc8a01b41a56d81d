"""What every form is built of: labelled fields, refusals beside them, dialogs."""
