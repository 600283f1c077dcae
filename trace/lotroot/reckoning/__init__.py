"""What should it weigh: which sizes does each kind of goods ask for, and which figures do they give?

One `Form` a process, all in `forms.FORMS`; adding one is one entry there. Reading is strict, theory does the
arithmetic, and an error names the field that it is about.
"""
