"""By which factor on top of theory does the plant go, fitted from which weighed rolls, and who says so?"""
