def boiling_point_f(feet: float) -> float:
    return 211.95 - 1.83e-3*feet
def gel_point_f(feet: float) -> float:
    return boiling_point_f(feet)+8
