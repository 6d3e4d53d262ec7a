"""The page for who is not signed in or has no role, and the line that says who is.

In: nothing. Out: whether pages may be shown.
Elsewhere: who may do what (`sign_in`).
"""

import streamlit as st

from dashboard import sign_in
from dashboard.sentences.plain import literal


def is_admitted() -> bool:
    """Return whether who is here may look at pages."""
    return sign_in.may(sign_in.READ)


def entrance() -> None:
    """Show who is not admitted the way in, or why there is none."""
    st.title("towless", anchor=False)
    if not sign_in.is_signed_in():
        st.markdown("The records of this fleet are for those it knows. Sign in with your organisation's account.")
        st.button("Sign in", type="primary", on_click=st.login)
        return
    st.warning(literal(f"{sign_in.account()} is signed in, but nobody has given this account a role here."))
    st.markdown("Who runs this dashboard can add it to the roles of the sign-in file. Nothing of the fleet is shown until then.")
    st.button("Sign out", on_click=st.logout)


def who_is_here() -> None:
    """Show at the foot of a page who is signed in, with which role, and the way out; nothing where sign-in is off."""
    if not sign_in.is_on():
        return
    with st.container(horizontal=True, vertical_alignment="center", gap="small"):
        st.caption(literal(f"Signed in as {sign_in.account()}, who may {sign_in.MEANS[sign_in.role()]}."))
        st.button("Sign out", on_click=st.logout, type="tertiary")
