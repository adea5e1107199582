def show_temperature(f, metric): return f"{f:.1f} °F ({(f-32)/1.8:.1f} °C)"
def show_altitude(f, metric): return f"{f:.0f} ft"
