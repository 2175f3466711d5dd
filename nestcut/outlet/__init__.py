"""Where results leave: folders of papers, written beside and then renamed, all or none."""
