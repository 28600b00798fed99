"""Who may what, said by itself and not read from the application.

Everybody, the lead alone, and what a stringer and an organiser may; all other routes are for the desk lead and the
front desk.
"""

FOR_ALL = """
    static running.healthz running.readyz running.metrics sign_in.password sign_in.pin sign_in.out sign_in.welcome
    own_ways.mail own_ways.phone own_ways.end own_ways.stop own_ways.worker own_ways.manifest
    board.page board.lines player_page.page player_page.now player_page.pickup contact_page.page contact_page.now
"""
FOR_LEAD = """
    sign_in.trust events.new own_bench.choose
    plan.keep plan.free plan.mend sheets.close sheets.correct sheets.open_again
    machines.add machines.change machines.hours care.checks care.add care.change care.drop
    team.add team.change team.hours team.pin team.rate
    players.erase charges.write_off payers.add_rule payers.remove_rule
    contacts.new_link contacts.end contacts.take_up contacts.erase
    settings.page settings.days settings.day settings.price_list settings.set_price settings.set_prices
    settings.remove_price settings.people settings.add_account settings.invite
    settings.password settings.active settings.withdraw
    settings.times settings.minutes settings.pace
    rehearsal.page rehearsal.start rehearsal.progress rehearsal.stop rehearsal.file rehearsal.order
    take_over.page take_over.take
    whose_players.page whose_players.change whose_players.wish whose_players.no_wish
"""
FOR_STRINGER = """
    events.enter events.choose events.take search.page
    bench.mine bench.benches bench.lines bench.page bench.card bench.begin bench.end bench.trouble bench.undo
    plan.page plan.lines plan.up_to_date print.card tags.find tags.job tags.now
"""
FOR_ORGANISER = """
    events.enter events.choose events.take search.page log.page organiser.page organiser.live
    sheets.page sheets.file sheets.make sheets.making sheets.progress sheets.made
"""
NOT_FOR_FRONT_DESK = """
    organiser.page organiser.live sheets.page sheets.file sheets.make sheets.making sheets.progress sheets.made
"""


def may(role: str | None, endpoint: str) -> bool:
    """Tell whether somebody of ROLE should reach the endpoint."""
    if endpoint in FOR_ALL.split() or role == "lead":
        return True
    if role == "desk":
        return endpoint not in (*FOR_LEAD.split(), *NOT_FOR_FRONT_DESK.split())
    return endpoint in {"stringer": FOR_STRINGER, "organiser": FOR_ORGANISER, None: ""}[role].split()
