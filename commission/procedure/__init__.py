"""procedure"""
