"""What the shed will do tonight: from its own readings, by a model fitted to its own nights.

Plain Python without numpy, for the process that watches. The models are fitted elsewhere
(``service.study``) and come as JSON. The method, in short: the fall from now to the night's
low is a linear function of what the sensors told so far, its errors are kept as quantiles.
"""
