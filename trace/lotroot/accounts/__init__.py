"""Who works here, what may they do, and how do they show who they are?"""
