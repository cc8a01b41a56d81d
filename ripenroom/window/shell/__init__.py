"""What stands around the pages: navigation, banners, the line at the foot, the menus."""
