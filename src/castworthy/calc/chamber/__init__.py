"""Chamber: compression ratio, what cuts do to it, piston to valve, gasket grade, injector stand."""
