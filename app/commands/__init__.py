"""The one table of what a user can do; menus, keys, the keys page and the command line read it."""
