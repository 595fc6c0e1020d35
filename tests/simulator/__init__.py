"""A small model of saltwater tanks, kits and keepers to try the advice on."""
