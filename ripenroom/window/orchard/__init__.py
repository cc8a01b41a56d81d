"""Rows of trees and the cultivars in them."""
