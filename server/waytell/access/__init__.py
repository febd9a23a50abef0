"""Who may look and who may operate, when displays on other devices are let in."""
